"""The factory in words: stations, streams, measures and the factory calendar. No I/O."""
