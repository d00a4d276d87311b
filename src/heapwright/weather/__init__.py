"""Weather at the bin as plain hourly series: readers of text, checks, disaggregation, moist air."""
