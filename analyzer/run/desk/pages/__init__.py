"""The pages of the desk: gather to plain values, then templates."""
