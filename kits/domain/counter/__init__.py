"""What is said at the counter of a part: what lies here, what it costs, when more comes, and what is offered first."""
