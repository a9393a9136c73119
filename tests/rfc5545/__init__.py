"""Tests named after the section of RFC 5545 or RFC 7986 that they hold the feeds against."""
