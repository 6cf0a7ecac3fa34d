"""What marking says of a fixed lot of answers, recorded: whatever changes it shows in a diff."""
