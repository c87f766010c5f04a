"""One wall: sticks, joints, nails, panels."""
