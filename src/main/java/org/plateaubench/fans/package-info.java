/** Fans: fan laws, the curve of speed over duty. Pure mathematics. May use units. */
package org.plateaubench.fans;
