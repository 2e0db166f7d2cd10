"""What comes out: STEP, DXF, meshes, manifest, reports, sheets."""
