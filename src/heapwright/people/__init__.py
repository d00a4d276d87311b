"""Who may use the gardens of a folder: people, their roles, their sign-ins; never what they grow.

Passphrases and sign-ins are kept in a file of their own beside the journals, so that no export and
no journal can ever carry them.
"""
