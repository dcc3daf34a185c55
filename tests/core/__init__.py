"""Tests of the core: plan, rows, virtual loom, proof, cables, and the design of the package."""
