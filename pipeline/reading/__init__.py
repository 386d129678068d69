"""From the files of a job folder to a checked job: files, rows, headings, cells, rules, links, defaults."""
