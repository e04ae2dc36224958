"""Making the shaft: donors, cuts, splice, strength, straightness, balance."""
