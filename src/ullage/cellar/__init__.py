"""What happened and what is planned, and its replay."""
