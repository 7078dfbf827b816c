"""The workbook (XLSX): the figures that a person may want to change, and formulas that follow."""
