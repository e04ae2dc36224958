"""The work order: the steps of the job, as rows of data."""
