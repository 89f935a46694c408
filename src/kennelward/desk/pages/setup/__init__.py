"""Set-up: the first owner, the kennel and its phones, people, leaflets of kits."""
