"""What people take away: papers as PDF and tables as files, described as plain values. Knows nothing of parts."""
