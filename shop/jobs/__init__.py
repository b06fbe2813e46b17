"""What really happened: a commission's work, hours, materials and mishaps against what was planned."""
