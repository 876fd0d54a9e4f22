/**
 * Sound levels: sums, means and percentiles of levels, what the background leaves of a reading, the line of own level over
 * speed, and the speeds of equal noise. Levels are in dB with the weighting of the meter's channel. May use units.
 *
 * <p>Words: the total level is read with the fans running, the background with them stopped; the own level is what the
 * fans alone would show; the gap is total less background.
 */
package org.plateaubench.acoustics;
