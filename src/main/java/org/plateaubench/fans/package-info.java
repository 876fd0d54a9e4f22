/** Fans: fan laws, the curve of speed over duty, figures of a fan and of a set, tachometer plausibility. Pure mathematics. May use units. */
package org.plateaubench.fans;
