"""The plan: what is on screen in every slot, decided before anything is rendered."""
