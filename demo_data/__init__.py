"""An invented mill and its season so far, for the demonstration: made forwards, then measured."""
