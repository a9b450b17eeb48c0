"""Pictures of the wiring: paths, ladders, the whole harness, all from one layout."""
