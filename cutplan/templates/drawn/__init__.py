"""What a template shows besides its own lines: marks, labels, slits, seams, rulers, the opening's work marks."""
