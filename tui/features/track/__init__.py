"""The customer's track: laps of the configurations, what parts are worth there, and which are worth their price."""
