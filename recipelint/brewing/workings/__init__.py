"""The working behind each stat, station by station: ``sheet`` says what a working is, ``chains`` lists them by stat."""
