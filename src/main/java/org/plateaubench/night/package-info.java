/**
 * Ties engine, bench, clock and record into a night: run, resume, rehearse, retrace. May use clock, plan, benchfile,
 * engine, bench, record, results; for the statistics of many nights also equilibrium and uncertainty.
 */
package org.plateaubench.night;
