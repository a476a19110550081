"""The tests; a package, since one of the tools that they use installs a package of the same name."""
