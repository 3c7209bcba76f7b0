"""Who lives there: how much hot water, when and at which flow."""
