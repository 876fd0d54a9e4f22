/** The only room that reads or waits for time: system and virtual clocks, real deadlines. May use units. */
package org.plateaubench.clock;
