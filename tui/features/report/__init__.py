"""The customer's page put together."""
