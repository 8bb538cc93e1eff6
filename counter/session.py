"""The one object that an interface talks to: sample, ledger and store together; no Qt."""
