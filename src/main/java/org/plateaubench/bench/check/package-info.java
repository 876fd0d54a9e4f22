/**
 * What is done with a bench before its first night: checking it and calibrating its probes. May use units, clock, sample,
 * benchfile, and the contracts of bench.
 */
package org.plateaubench.bench.check;
