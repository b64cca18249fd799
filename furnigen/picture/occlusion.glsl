// How much of the light from all around a point of the piece gets: less, the closer other boards stand before
// it. For points ever farther along the normal it measures how much closer than its own face the boxes of other
// boards are. Nothing is drawn at random, so the shade is as even as the boards.
{
  vec3 normal = normalize(occlusionNormal);
  int first = int(occlusionRange.x + 0.5), last = int(occlusionRange.y + 0.5);
  float open[STEPS];
  for (int k = 0; k < STEPS; ++k) open[k] = 1.0;
  for (int i = first; i < last; ++i) {
    ivec2 cell = ivec2(4 * (i % ROW), i / ROW);
    vec4 x = texelFetch(neighbours, cell, 0), y = texelFetch(neighbours, cell + ivec2(1, 0), 0);
    vec4 z = texelFetch(neighbours, cell + ivec2(2, 0), 0), half_ = texelFetch(neighbours, cell + ivec2(3, 0), 0);
    vec4 point = vec4(occlusionPoint, 1.0);
    vec3 from = vec3(dot(x, point), dot(y, point), dot(z, point));
    vec3 ahead = vec3(dot(x.xyz, normal), dot(y.xyz, normal), dot(z.xyz, normal));
    vec3 beyond = abs(from) - half_.xyz;
    // deep within another board's box: that board has a notch here
    if (max(beyond.x, max(beyond.y, beyond.z)) < -BURIED) continue;
    // out of reach of every point measured from
    if (length(max(beyond, 0.0)) > 2.0 * REACH) continue;
    // behind this face
    if (dot(abs(ahead), half_.xyz) < dot(ahead, from)) continue;
    for (int k = 0; k < STEPS; ++k) {
      float away = REACH * float(k + 1) / float(STEPS);
      float nearest = length(max(abs(from + away * ahead) - half_.xyz, 0.0));
      open[k] *= 1.0 - half_.w * (1.0 - smoothstep(0.0, away, nearest));
    }
  }
  float hidden = 0.0, all = 0.0;
  for (int k = 0; k < STEPS; ++k) {
    float weight = 1.0 - float(k) / float(STEPS);
    hidden += weight * (1.0 - open[k]);
    all += weight;
  }
  fragOutput0.rgb *= 1.0 - STRENGTH * hidden / all;
}
