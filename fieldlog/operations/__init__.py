"""The verbs: the only thing that screens, the command line and the demo talk to."""
