"""What the desk remembers: an SQLite database in its folder, a module for each kind of record.

Each function of a record's module takes a connection first. `with store.reading() as view:` gives one that sees one
state throughout, `with store.writing() as change:` gives one transaction, in which several records can be written; it
is on the disk when the block is left, or nothing of it is.
"""
