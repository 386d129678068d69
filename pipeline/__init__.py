"""From sheets to a job, from the job through pure steps to result sheets, and from those to files."""
