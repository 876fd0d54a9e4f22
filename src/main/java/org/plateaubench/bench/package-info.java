/**
 * Driving devices: serial lines, the computer, heat loads, the simulated bench, and the one procedure that makes a bench
 * safe. May use units, clock, sample, benchfile.
 */
package org.plateaubench.bench;
