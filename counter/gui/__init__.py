"""The desktop window: thin views; the only place with Qt."""
