"""Why a run cannot go on."""


class BulkError(Exception):
    """A run that cannot begin or go on; the message is one clear line."""
