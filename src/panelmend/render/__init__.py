"""Parts of a plan in, bytes out: templates, cut files, labels, lists and the pack that holds them."""
