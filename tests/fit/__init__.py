"""Tests of sizes: shoe sizes, feet, gauge and yarn, each against published figures."""
