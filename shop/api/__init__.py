"""The site's own part of the API: who asks, how often, and the description of it all as a page."""
