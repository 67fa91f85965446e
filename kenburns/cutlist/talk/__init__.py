"""What is said in a film, where a work is spoken of in it, and the slots to propose for that."""
