"""The hill as a 3D model (GLB, glTF 2.0): ground, cells, soil, plants, bars, pipes, drains."""
