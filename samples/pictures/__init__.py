"""Pictures of otoliths under a microscope: taken in, matched to vials, tiled, and to scale."""
