package org.plateaubench.hostile;

/**
 * An invariant that does not hold.
 *
 * @param invariant which
 * @param detail what was found
 */
record Breach(Invariant invariant, String detail) {}
