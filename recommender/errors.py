"""Every error of the package, one meaning each.

A message names the thing, what was got, what was expected and what to do, so that the command line and the dashboard can
show it as it stands.
"""


class OveredgeError(Exception):
    """Something that a person can mend; the message is the sentence that they read."""


class InvalidValue(OveredgeError, ValueError):
    """A value is outside what it may be, or not of its kind."""


class AmbiguousUnit(OveredgeError, ValueError):
    """A number was given whose unit can be read in several ways; the message holds the question to ask."""


class UnknownName(OveredgeError, LookupError):
    """A stitch, machine, fabric, control or trial of that name does not exist; the message lists what does."""


class UnsuitableMachine(OveredgeError, ValueError):
    """The machine lacks a thread position or a part that the stitch needs."""


class StudioError(OveredgeError, OSError):
    """The studio's log cannot be opened, read or written."""


class FileFault(OveredgeError, ValueError):
    """A file that was handed in cannot be read as the kind of file it should be."""


class ModelFileError(OveredgeError, ValueError):
    """A model file cannot be used; the model is rebuilt from the log."""


class ModelFileMissing(ModelFileError):
    """There is no model file."""


class ModelFileDamaged(ModelFileError):
    """The model file's bytes are not those that were written."""


class ModelFileOutdated(ModelFileError):
    """The model file was written from another log, or by an earlier layout of this package."""


class ModelFileForeign(ModelFileError):
    """The file is no model file of this package."""
