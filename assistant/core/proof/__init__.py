"""Files and jobs checked before anybody works by them."""
