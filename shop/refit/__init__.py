"""How what is not yet cut follows what was measured, for each kind of joint."""
