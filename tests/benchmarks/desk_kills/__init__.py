"""The desk under load and under fire: clients that drop at once, kills at random moments, thousands of lessons."""
