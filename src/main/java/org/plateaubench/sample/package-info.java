/** Readings with their quality, and samples: all readings of one tick. May use units. */
package org.plateaubench.sample;
