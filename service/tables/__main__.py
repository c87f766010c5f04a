"""Writes the manifest after a wanted change of the tables: python -m service.tables."""

import sys

from service.errors import TableError
from service.tables.book import HERE, open_book
from service.tables.manifest import write_manifest


def main() -> int:
    """Read every table, then write the manifest; or say in one line which table is broken."""
    try:
        open_book(checked=False)
        count = write_manifest(HERE)
    except TableError as error:
        print(f"manifest not written: {error}", file=sys.stderr)
        return 2
    print(f"manifest of {count} tables written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
