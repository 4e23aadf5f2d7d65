"""The invented Saltmarsh Water Works: its fleet, four years of its history, a walk, the bench."""
