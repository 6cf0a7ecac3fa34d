"""What is kept on disk between runs: the journal, keys, secrets, and the results folder with what an earlier run left."""
