"""What students believe: ideas behind the mistakes, inferred from whole uploads, right answers included."""
