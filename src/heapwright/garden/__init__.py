"""Where compost goes and where it is made: beds, nitrogen, sharing out, the site. Floor 2."""
