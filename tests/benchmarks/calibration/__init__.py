"""Whether the stated doubts are true: errors over their own 1 sigma, by interval and by kind of columns."""
