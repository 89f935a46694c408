"""The kennel book in the database: append-only entries in a hash chain.

Only `writes` changes it. Import from `kennelward.desk`.
"""
