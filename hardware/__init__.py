"""The real parts: one adapter each, its driver imported only when it is opened."""
