"""Every page of every kind of flight in Chromium: widths, schemes, touch, keyboard, print, without script."""
