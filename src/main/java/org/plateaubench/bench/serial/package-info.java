/**
 * Devices on serial lines: the line itself, how instruments are spoken to over it, and pseudo-terminals that stand in
 * for a line. May use bench, units, clock, sample, benchfile.
 */
package org.plateaubench.bench.serial;
