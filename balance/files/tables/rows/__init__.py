"""What the rows of a foreign table become."""
