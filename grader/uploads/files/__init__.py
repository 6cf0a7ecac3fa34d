"""Finding files among the uploads and taking their bytes, with suspicion: folders, zips, single files."""
