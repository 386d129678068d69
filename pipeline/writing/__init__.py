"""From result sheets to CSV files and a workbook."""
