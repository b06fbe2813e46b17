"""The shop's papers. `render` is the one door to the PDF library; one module a document; one style sheet."""
