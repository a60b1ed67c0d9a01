#pragma once
// The codec of a whole policy is large: it is compiled once, in policy_codec.cc.
#include "json/codec.h"
#include "policy/policy.h"

extern template struct dwell::json::Codec<dwell::policy::Policy>;
