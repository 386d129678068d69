"""The dated schedule: a shop is built from the job's sheets, days are worked through in order, loads are filled."""
