"""What several edges ask of the operating system."""
