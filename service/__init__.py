"""The house around the two apps: settings and commands in front, operations and HTTP manners below."""

VERSION = "0.1.0"
