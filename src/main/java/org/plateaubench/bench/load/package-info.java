/**
 * Heat loads: workloads and processor threads under a guardian process that ends them when this program dies or freezes,
 * and supplies set to a power. May use units, clock, benchfile, bench.
 */
package org.plateaubench.bench.load;
