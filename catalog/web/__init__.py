"""The pages under Prices: thin doors onto services and selectors."""
