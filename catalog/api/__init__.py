"""The catalogue over REST: thin doors onto services and selectors."""
