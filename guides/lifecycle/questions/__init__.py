"""A customer's question, from arriving to its answer or its end. No act writes a customer's words anywhere else."""
