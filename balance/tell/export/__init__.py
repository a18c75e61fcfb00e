"""Results as JSON, CSV and workbook."""
