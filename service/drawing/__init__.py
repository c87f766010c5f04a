"""Pictures of finished plans: one scene of shapes for every form; draws only what a plan holds."""
