"""Where the house is: its water, air, prices and grid."""
