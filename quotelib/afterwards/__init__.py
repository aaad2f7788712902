"""After the job: tickets, a job against its quote, and the shop's rates learned from both."""
