"""Pictures and clips: looked at before they are trusted, written anew, kept under names made from their content."""
