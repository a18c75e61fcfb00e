"""Pictures of a report: what each shows, and how it is drawn."""
