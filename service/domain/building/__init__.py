"""What holds a building up against wind and earthquake: a building has braced wall lines, a line has walls, walls have ties and bolts."""
