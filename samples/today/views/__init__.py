"""Pages on which a day begins: a lake's work, the lakes of a person, and their saved views."""
