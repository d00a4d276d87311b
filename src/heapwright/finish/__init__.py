"""When compost is ready, and for what: home tests judged, dates and amounts to expect."""
