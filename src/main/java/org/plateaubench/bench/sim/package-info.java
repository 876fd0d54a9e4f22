/**
 * The simulated bench: a physical truth, sensors that report it imperfectly, instruments that speak the dialects of the
 * bench file, and faults. One seed decides everything. The truth is kept apart from what is reported, and nothing here
 * knows how readings are analysed. May use units, clock, sample, benchfile, bench, bench.serial.
 */
package org.plateaubench.bench.sim;
