"""What is taken elsewhere: the flight for maps and globes, the plan as a drawing."""
