"""The job room: the typed job file, its sidecar files and their errors."""
