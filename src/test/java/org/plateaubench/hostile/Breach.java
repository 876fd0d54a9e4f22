package org.plateaubench.hostile;

/**
 * An invariant that does not hold.
 *
 * @param invariant which
 * @param must what it says must hold
 * @param detail what was found
 */
record Breach(String invariant, String must, String detail) {}
