"""The same run on more than one machine; needs the optional extra `kenburns[cluster]`."""
