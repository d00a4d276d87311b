"""One module per thing a person asks for: reads the journal, calls the core, answers in types."""
