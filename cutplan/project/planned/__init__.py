"""The trades' plans of one job: each on its own, remembered between runs by what it depends on."""
